"""Write what the types say of documents: docs/schemas, and the table of keys in the guide.

Run it after changing a type: ``python tools/write_schemas.py``.
"""

import json
from pathlib import Path

from thumbwright.interchange.case_file import CASE
from thumbwright.interchange.schemas import entries_of, schema_of

DOCS = Path(__file__).resolve().parents[1] / "docs"
DOCUMENTS = {"case-1": CASE.model}
GUIDES = {"case-file.md": CASE.model}
BEGIN = "<!-- written by tools/write_schemas.py: begin -->\n"
END = "<!-- written by tools/write_schemas.py: end -->\n"


def schema_text(name: str) -> str:
    """Return the text of one schema file."""
    return json.dumps(schema_of(DOCUMENTS[name], name), indent=2, ensure_ascii=False) + "\n"


def table_text(guide: str) -> str:
    """Return the table of keys that stands in one guide."""
    rows = ["| Key | What may stand there | Meaning |", "|---|---|---|"]
    for entry in entries_of(GUIDES[guide]):
        mark = " (required)" if entry.is_required else ""
        rows.append(f"| `{entry.path}`{mark} | {entry.allowed} | {entry.meaning} |")
    return "\n".join(rows) + "\n"


def guide_text(guide: str, text: str) -> str:
    """Return a guide with its table of keys written anew."""
    before, _, rest = text.partition(BEGIN)
    _, _, after = rest.partition(END)
    return f"{before}{BEGIN}{table_text(guide)}{END}{after}"


def main() -> None:
    """Write every schema and every table of keys."""
    (DOCS / "schemas").mkdir(parents=True, exist_ok=True)
    texts = {f"schemas/{name}.schema.json": schema_text(name) for name in DOCUMENTS}
    texts |= {name: guide_text(name, (DOCS / name).read_text("utf-8")) for name in GUIDES}
    for name, text in texts.items():
        (DOCS / name).write_text(text, encoding="utf-8", newline="\n")
        print(name)


if __name__ == "__main__":
    main()
