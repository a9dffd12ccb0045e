"""What stands on a card, gathered from product and plan, and checks on it before it is printed."""
