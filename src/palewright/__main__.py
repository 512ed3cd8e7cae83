"""``python -m palewright``."""

from palewright.cli.main import main

main()
