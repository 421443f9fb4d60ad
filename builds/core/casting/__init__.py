"""Sculpts, moulds and castings as plain values: materials, what sets on what, sizes, amounts."""
