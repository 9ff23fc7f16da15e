"""What is kept: sittings, workrooms and jobs, sealed."""
