"""What is done outside the web process."""
