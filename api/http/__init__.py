"""The HTTP door: documents, problems and routes. Everything else is done behind it."""
