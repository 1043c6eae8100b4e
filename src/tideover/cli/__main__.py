"""``python -m tideover.cli``."""

from tideover.cli.main import main

main()
