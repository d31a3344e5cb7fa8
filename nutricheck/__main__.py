"""``python -m nutricheck`` is the command line."""

from nutricheck.cli import main

main()
