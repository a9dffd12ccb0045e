"""The limits of a line: entered in the trade's words, kept in the machine's few forms."""
