"""Plans side by side: figures, station pairs, differences in words."""
