"""The full-size drawing: from a photo to millimetres, proportions to start from, tiles of paper."""
