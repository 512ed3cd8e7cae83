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
    ("crew.pdf", "Order of work", "crew-first"),
    ("crew.pdf", "How to set it", "crew-string"),
    ("drawings.pdf", "Fence plan", "plan"),
    ("materials.pdf", "Need", "materials"),
)
"""A paper, words of the page to show (the first that has them), and the name of its picture."""


def page_with(document: pypdfium2.PdfDocument, words: str) -> pypdfium2.PdfPage:
    """The first page that holds the words; raises StopIteration where none does."""
    return next(page for page in document if words in page.get_textpage().get_text_bounded())


def main() -> None:
    """Write one picture for every page named above."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        made = plan.make_plan(*plan.load(JOB))
        plan.publish(made, Path(folder))
        for name, words, title in PAGES:
            page = page_with(pypdfium2.PdfDocument(Path(folder) / name), words)
            image = page.render(scale=1.4).to_pil().convert("L").quantize(32)
            image.save(PICTURES / f"{title}.png", optimize=True)
            print(f"docs/pictures/{title}.png")


if __name__ == "__main__":
    main()
