"""What is handed over: the limit bar, the steel-change sheet, the workbook, and how numbers are worded."""
