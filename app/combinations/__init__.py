"""Switch settings in the window: small pictures of their light, and the question for the least that is enough."""
