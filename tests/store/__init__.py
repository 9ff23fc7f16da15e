"""What is kept: on SQLite and on PostgreSQL."""
