"""The forms that stored documents have had, and the steps from each to the next."""
