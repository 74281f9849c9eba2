"""What the checks and the light meter show: pictures of benches, the list of findings, the meter's window."""
