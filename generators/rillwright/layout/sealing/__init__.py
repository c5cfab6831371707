"""Closed grooves round what is wet, and the screws that keep a cover down on them."""
