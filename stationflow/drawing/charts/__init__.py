"""Charts of loads, curves and figures: for pages as Vega-Lite, for files as SVG."""
