"""Make the pictures that the README shows, from the demo's own papers.

python -m tools.pictures
"""

from __future__ import annotations

import tempfile
from pathlib import Path

import pypdfium2

from palewright import plan

ROOT = Path(__file__).resolve().parent.parent
JOB = ROOT / "examples" / "tansy-court.yaml"
PICTURES = ROOT / "docs" / "pictures"
PAGES = (
    ("crew.pdf", 0, "crew-first"),
    ("crew.pdf", 4, "crew-string"),
    ("drawings.pdf", 0, "plan"),
    ("materials.pdf", 0, "materials"),
)


def main() -> None:
    """Write one picture for every page named above, and one for each elevation that the README shows."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        made = plan.make_plan(*plan.load(JOB))
        plan.publish(made, Path(folder))
        for name, page, title in PAGES:
            document = pypdfium2.PdfDocument(Path(folder) / name)
            image = document[page].render(scale=1.4).to_pil().convert("L").quantize(32)
            image.save(PICTURES / f"{title}.png", optimize=True)
            print(f"docs/pictures/{title}.png")


if __name__ == "__main__":
    main()
