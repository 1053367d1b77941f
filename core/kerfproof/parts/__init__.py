"""From loose entities to contours, features and parts."""
