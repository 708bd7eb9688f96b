"""The pour sheet that lies on the bench: its content once, as a page, as HTML and as CSV."""
