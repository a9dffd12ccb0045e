"""Tables that go out: of a product, a plan, a comparison and a curve; as CSV or workbook."""
