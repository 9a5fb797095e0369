"""A piece as it is cut: outline, allowances, notches, lines, words. It knows no body and no medium."""
