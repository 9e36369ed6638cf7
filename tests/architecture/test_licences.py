"""Everything that is shipped to a user may be used by anyone for anything."""

import re
from importlib import metadata
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PINNED = re.compile(r"^([A-Za-z0-9._-]+)==", flags=re.MULTILINE)
LOCKED = sorted(set(PINNED.findall((ROOT / "requirements.lock").read_text("utf-8"))))
PERMISSIVE = {
    "MIT",
    "MIT-CMU",
    "HPND",
    "0BSD",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSD License",
    "3-Clause BSD License",
    "Apache-2.0",
    "Apache Software License",
    "MIT License",
    "ISC",
    "PSF-2.0",
    "Python Software Foundation License",
    "Zlib",
    "CC0-1.0",
    "MPL-2.0",
    "OFL-1.1",  # fonts
}


def licences_of(name: str) -> set[str]:
    """Return the licences that a distribution names: by expression, classifier or plain field."""
    about = metadata.metadata(name)
    if expression := (about.get_all("License-Expression") or [""])[0]:
        return set(re.split(r"\s+(?:AND|OR|WITH)\s+", expression.replace("(", "").replace(")", "")))
    classifiers = about.get_all("Classifier") or []
    named = {line.split(" :: ")[-1] for line in classifiers if line.startswith("License ::")}
    return named or set(about.get_all("License") or [])


def test_the_lock_names_what_is_shipped() -> None:
    assert {"numpy", "scipy", "pydantic", "pydicom"} <= set(LOCKED)


@pytest.mark.parametrize("name", LOCKED)
def test_a_locked_package_has_a_permissive_licence(name: str) -> None:
    licences = licences_of(name)
    assert licences
    assert licences <= PERMISSIVE


def test_the_list_of_permissive_licences_has_no_copyleft_in_it() -> None:
    assert [name for name in PERMISSIVE if "GPL" in name] == []
