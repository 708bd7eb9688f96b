"""Page data to paper and picture, by Qt; imported only when something is printed."""
