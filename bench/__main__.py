"""All benchmarks: medians and ratios. ``python -m bench`` or ``python -m bench layout``."""

from __future__ import annotations

import importlib
import sys

NAMES = ("adjust", "drag", "layout", "line", "meeting", "replan", "serve", "start")


def main() -> None:
    """Run the benchmarks named on the command line, or all."""
    for name in sys.argv[1:] or NAMES:
        if name not in NAMES:
            raise SystemExit(f"no benchmark {name!r}; there are: {', '.join(NAMES)}")
        importlib.import_module(f"bench.{name}").main()


if __name__ == "__main__":
    main()
