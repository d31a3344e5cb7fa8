"""``python -m data_builder`` is the command line."""

from .cli import main

main()
