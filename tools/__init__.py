"""Tools of the repository itself: generated pages and pictures. Not part of the package."""
