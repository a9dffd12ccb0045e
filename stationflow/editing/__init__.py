"""What an edit of a product is: two editors brought together, changes in words, tasks changed."""
