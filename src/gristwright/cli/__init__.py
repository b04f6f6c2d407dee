"""The command line: one command for each job, loaded only when called. See docs/commands.md."""
