"""Pictures: data in, picture out."""
