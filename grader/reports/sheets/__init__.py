"""The sheets of the feedback workbook, one file each, and what they share: how cells look and how a page is set up."""
