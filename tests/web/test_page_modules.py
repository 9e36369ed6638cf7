"""The small modules of the pages are built from the sources that lie beside them."""

import hashlib
import shutil
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
WEB, STATIC = ROOT / "web", ROOT / "src" / "thumbwright" / "web" / "static"
NAMES = ("regions", "upload", "waiting")


def test_every_source_has_its_module() -> None:
    sources = {place.stem for place in (WEB / "pages").glob("*.ts")} - {"build"}
    assert sources == set(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_the_built_module_belongs_to_its_source(name: str) -> None:
    source = (WEB / "pages" / f"{name}.ts").read_bytes()
    first, second = (STATIC / f"{name}.js").read_text("utf-8").splitlines()[:2]
    assert first == f"// generated from web/pages/{name}.ts by esbuild; do not edit"
    assert second == f"// source sha256 {hashlib.sha256(source).hexdigest()}"


def test_building_anew_gives_the_same(tmp_path: Path) -> None:
    npm = shutil.which("npm")
    if npm is None or not (WEB / "node_modules" / "esbuild").is_dir():
        return
    subprocess.run([npm, "run", "--silent", "build-pages", "--", tmp_path], cwd=WEB, check=True)
    for name in NAMES:
        assert (tmp_path / f"{name}.js").read_bytes() == (STATIC / f"{name}.js").read_bytes()
