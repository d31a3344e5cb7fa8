"""``python -m nutricheck`` is the command line."""

from nutricheck.start import main

main()
