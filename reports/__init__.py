"""Paper: plain data in, SVG and PDF bytes out."""
