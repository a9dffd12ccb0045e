"""The whole line on a page: what is entered about it, its figures, its flow."""
