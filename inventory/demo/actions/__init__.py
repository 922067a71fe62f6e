"""The scenario of the demo, table by table, and the made collection."""
