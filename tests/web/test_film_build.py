"""The built module of the film page belongs to its sources."""

import hashlib
import shutil
import subprocess
from pathlib import Path

from playwright.sync_api import Page
from tests.web.film_bench import ROOT, STATIC

WEB = ROOT / "web"


def test_a_film_without_its_size_is_told_in_plain_words(page: Page) -> None:
    page.evaluate(
        "document.body.append(Object.assign(document.createElement('thumb-film'), {id: 'bare'}))"
    )
    said = page.locator("#bare").inner_text()
    assert "The film's columns are not stated as a whole number." in said


def _hash_of_sources() -> str:
    found = hashlib.sha256()
    for file in sorted((WEB / "film").glob("*.ts"), key=lambda one: one.name):
        found.update(f"{file.name}\n".encode())
        found.update(file.read_bytes())
    return found.hexdigest()


def test_the_built_module_belongs_to_its_sources(tmp_path: Path) -> None:
    kept = (STATIC / "film.js").read_text(encoding="utf-8")
    first, second = kept.splitlines()[:2]
    assert first == "// generated from web/film by esbuild; do not edit"
    assert second == f"// sources sha256 {_hash_of_sources()}"
    npm = shutil.which("npm")
    if npm is None or not (WEB / "node_modules" / "esbuild").is_dir():
        return
    fresh = tmp_path / "film.js"
    subprocess.run([npm, "run", "--silent", "build", "--", str(fresh)], cwd=WEB, check=True)
    assert fresh.read_text(encoding="utf-8") == kept


def test_the_lock_file_names_no_registry() -> None:
    lock = (WEB / "package-lock.json").read_text(encoding="utf-8")
    assert "resolved" not in lock
    assert "://" not in lock
