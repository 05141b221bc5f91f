"""The survey as a workbook: its sheets written, read back as a located tree, and turned into YAML again."""
