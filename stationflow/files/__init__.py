"""Files in and out: product folder, product workbook, published instances, JSON."""
