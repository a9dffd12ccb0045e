"""Components that run in the browser, each with a small script of its own."""
