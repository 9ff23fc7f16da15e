"""The command that starts the service and keeps it running."""
