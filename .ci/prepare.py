"""Set up `.venv` in this checkout: exact versions from requirements.lock, then ellwand itself.

Needs Python 3.11 or 3.12 with pip, and nothing else. Running it again when nothing has changed
takes no time. Kept to the standard library and to old syntax, so that a Python of the wrong
version can still read it and say what to do.
"""

import hashlib
import os
import shutil
import subprocess
import sys

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
VENV = os.path.join(ROOT, ".venv")
VENV_PYTHON = os.path.join(VENV, "Scripts" if os.name == "nt" else "bin", "python")
STAMP = os.path.join(VENV, "prepared-for")

TOO_NEW = """\
ellwand needs Python 3.11 or 3.12: the library that finds the body in a photo has no build for
other versions. This is Python {version}, and no python3.12 or python3.11 was found beside it.
Install one and run this command again with it, for instance
    Debian or Ubuntu:  apt-get install python3.12   (or python3.11, whichever your release has)
    macOS or Windows:  the installer for 3.12 from python.org
    python3.12 .ci/prepare.py
Nothing has been installed or changed."""

NO_PIP = """\
ellwand is installed with pip, and {python} has none.
Install it and run this command again, for instance
    Debian or Ubuntu:  apt-get install python3-pip
Nothing has been installed or changed."""


def suits(version):
    """Whether the pose library has a build for this (major, minor)."""
    return (3, 11) <= tuple(version) < (3, 13)


def runs(python):
    """Whether an interpreter starts."""
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    return subprocess.run([python, "-c", ""], **quiet).returncode == 0


def suitable_python():
    """Path of an interpreter that suits, this one first; None when there is none."""
    if suits(sys.version_info[:2]):
        return sys.executable
    for name in ("python3.12", "python3.11"):
        found = shutil.which(name)
        # A version manager's stand-in is found, too, but may lead nowhere.
        if found and runs(found):
            return found
    return None


def fingerprint():
    """What the environment was made from: it is made anew when this changes."""
    digest = hashlib.sha256(ROOT.encode())
    for name in ("requirements.lock", "pyproject.toml"):
        with open(os.path.join(ROOT, name), "rb") as file:
            digest.update(file.read())
    return digest.hexdigest()


def prepared():
    """Whether `.venv` already is what the lock asks for."""
    try:
        with open(STAMP) as file:
            return file.read() == fingerprint() and os.path.exists(VENV_PYTHON)
    except OSError:
        return False


def main():
    """Make `.venv`, or say what is missing; returns the exit code."""
    if prepared():
        return 0
    python = suitable_python()
    if python is None:
        print(TOO_NEW.format(version="%d.%d" % sys.version_info[:2]), file=sys.stderr)
        return 1
    pip = [python, "-m", "pip"]
    if subprocess.run(
        pip + ["--version"], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    ).returncode:
        print(NO_PIP.format(python=python), file=sys.stderr)
        return 1
    # The venv gets no pip of its own: the machine's pip fills it, so ensurepip is not needed.
    install = pip + [
        "--python",
        VENV_PYTHON,
        "--disable-pip-version-check",
        "install",
        "--quiet",
        "--no-deps",
    ]
    steps = (
        [python, "-m", "venv", "--without-pip", "--clear", VENV],
        install + ["--require-hashes", "-r", os.path.join(ROOT, "requirements.lock")],
        install + ["--no-build-isolation", "--editable", ROOT],
    )
    for step in steps:
        print("+ " + " ".join(step[1:]), file=sys.stderr)
        code = subprocess.run(step).returncode
        if code:
            print(
                "That step failed; see the message above. Run the command again to start over.",
                file=sys.stderr,
            )
            return code
    with open(STAMP, "w") as file:
        file.write(fingerprint())
    return 0


if __name__ == "__main__":
    sys.exit(main())
