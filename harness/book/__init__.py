"""What is given out to be read: shop book, workbook, sheets to take along, and the design as data."""
