"""The tests: a package, because a library in use brings one of this name along."""
