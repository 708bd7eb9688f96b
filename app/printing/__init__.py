"""Pages in mm to paper, PDF and screen."""
