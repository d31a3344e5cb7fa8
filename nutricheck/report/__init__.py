"""Reports of a result: terminal, workbook, page, JSON and CSV."""
