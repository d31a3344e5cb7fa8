"""The plan: its models, its text form and its fill-in workbook form."""
