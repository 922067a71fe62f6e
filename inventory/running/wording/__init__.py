"""Answers of the running area in charts, laid out on the server, and in sentences."""
