"""What screens are tested with: the sight of some examples as JSON. ``python -m tools.screens`` writes them anew."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

from palewright import drafting

ROOT = Path(__file__).resolve().parents[1]
SNAPSHOTS = ROOT / "tests" / "snapshots" / "screen"
EXAMPLES = ("tansy-court", "house-and-tape", "sloping-yard")
LANGUAGES = ("en", "es")
TODAY = date(2026, 6, 1)


def rendered(name: str, language: str) -> str:
    path = ROOT / "examples" / f"{name}.yaml"
    sight = drafting.sight(path.read_text("utf-8"), path.parent, language=language, strings=True, today=TODAY)
    return json.dumps(drafting.to_json(sight), indent=1, ensure_ascii=False) + "\n"


def file_of(name: str, language: str) -> Path:
    return SNAPSHOTS / f"{name}.{language}.json"


def main() -> None:
    SNAPSHOTS.mkdir(parents=True, exist_ok=True)
    for name in EXAMPLES:
        for language in LANGUAGES:
            file_of(name, language).write_text(rendered(name, language), "utf-8")


if __name__ == "__main__":
    main()
