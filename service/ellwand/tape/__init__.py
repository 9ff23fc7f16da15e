"""What she typed to readings and queries."""
