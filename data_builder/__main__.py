"""``python -m data_builder`` is the command line."""

from data_builder.cli import main

main()
