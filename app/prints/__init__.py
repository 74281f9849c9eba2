"""Pictures and sheets of a plan, drawn without a window."""
