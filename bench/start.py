"""Cold start of ``palewright check`` on the example, against importing numpy and shapely, in turn."""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from pathlib import Path

EXAMPLE = Path(__file__).resolve().parent.parent / "examples" / "tansy-court.yaml"


def once(*args: str) -> float:
    """Wall seconds of one process."""
    start = time.perf_counter()
    subprocess.run([sys.executable, *args], check=True, capture_output=True)
    return time.perf_counter() - start


def main() -> None:
    """Print the medians of nine pairs and of their ratios."""
    pairs = []
    for k in range(10):
        pair = (once("-m", "palewright", "check", str(EXAMPLE)), once("-c", "import numpy, shapely"))
        if k:
            pairs.append(pair)
    print("cold start")
    print(f"  palewright check       {statistics.median(a for a, _ in pairs) * 1e3:8.0f} ms")
    print(f"  import numpy, shapely  {statistics.median(b for _, b in pairs) * 1e3:8.0f} ms")
    print(f"  ratio                  {statistics.median(a / b for a, b in pairs):8.2f}   (wanted: at most 3)")


if __name__ == "__main__":
    main()
