"""The app: pages that read, draw, and call one action."""
