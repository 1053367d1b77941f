"""What a contour is: cut, slit, mark, page frame, left aside."""
