"""Starting the service, and keeping it up."""
