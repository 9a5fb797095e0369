"""Close cloth made flat: rest shapes, trued outlines, and the checks that can fail."""
