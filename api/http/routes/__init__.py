"""The routes: each asks, and answers with a document."""
