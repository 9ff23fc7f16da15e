"""The state to paper: measurement card and marker sheets."""
