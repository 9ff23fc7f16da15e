"""Web and workers apart, on a real PostgreSQL and a real Redis."""

import json
import subprocess
from pathlib import Path

from tests.real_service import BASE, COMMAND, demo_pair, ended, serving
from tests.running import DEMO_IMAGES
from tests.servers import postgresql, redis_url


def test_a_customer_is_served_by_a_web_machine_and_a_machine_of_workers(tmp_path: Path) -> None:
    servers = {"ELLWAND_DATABASE_URL": postgresql(empty=True), "ELLWAND_QUEUE_URL": redis_url()}
    data = tmp_path / "data"
    with serving(data, ["--workers", "0"], servers) as service:
        customer = service.customer()
        typed = {"stature": "168 cm", "reference": "stature"}
        sent = customer.post(f"{BASE}/sitting/photos", files=demo_pair(), data=typed)
        assert customer.get(sent.headers["location"]).json()["status"] == "queued"
        with subprocess.Popen(
            [*COMMAND, "work", "--data", str(data), "--workers", "1"],
            env=dict(service.environment), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        ) as workers:  # fmt: skip
            try:
                assert ended(customer, sent.headers["location"])["status"] == "done"
            finally:
                workers.terminate()
        for told in json.loads((DEMO_IMAGES / "scenario.json").read_text("utf-8"))["readings"]:
            row = {"code": told["code"], "entries": told["entries"], "instead": True}
            assert customer.post(f"{BASE}/sitting/readings", json=row).status_code == 201
        assert customer.post(f"{BASE}/sitting/decision", json={}).json()["size"]["name"]
        assert customer.delete(f"{BASE}/sitting").status_code == 204
        assert service.workroom().get(f"{BASE}/workroom/sittings").json() == []
