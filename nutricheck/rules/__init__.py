"""Rules of arithmetic, each written once and said as numbers, page script and cell formula."""
