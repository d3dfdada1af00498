"""Processes that read what strangers send and draw what they ask for, so that neither can harm the service."""
