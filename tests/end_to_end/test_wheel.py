"""A wheel built of the project serves, page and all, from an empty folder."""

import subprocess
import sys
import zipfile
from pathlib import Path

from tests.real_service import BASE, demo_pair, ended, serving

CHECKOUT = Path(__file__).resolve().parents[2]


def test_the_service_runs_from_a_wheel_in_an_empty_folder(tmp_path: Path) -> None:
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(tmp_path)],
        cwd=CHECKOUT, check=True, capture_output=True,
    )  # fmt: skip
    (wheel,) = tmp_path.glob("*.whl")
    # As pip does, beside the libraries that this environment has.
    installed = tmp_path / "installed"
    with zipfile.ZipFile(wheel) as packed:
        packed.extractall(installed)
    empty = tmp_path / "empty"
    with serving(empty / "data", environment={"PYTHONPATH": str(installed)}) as service:
        visitor = service.visitor()
        page = visitor.get("/sitting")
        assert page.headers["content-type"].startswith("text/html")
        assert visitor.get("/page/style.css").status_code == 200
        assert "Ihre Maße" in visitor.get("/de/sitting").text
        customer = service.customer()
        typed = {"stature": "168 cm", "reference": "stature"}
        sent = customer.post(f"{BASE}/sitting/photos", files=demo_pair(), data=typed)
        assert ended(customer, sent.headers["location"])["status"] == "done"
    # Nothing of the checkout was used: its package is not among the loaded ones.
    where = subprocess.run(
        [sys.executable, "-c", "import ellwand; print(ellwand.__file__)"],
        env={"PYTHONPATH": str(installed)}, cwd=empty, capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert where.stdout.startswith(str(installed))
