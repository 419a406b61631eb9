"""The shop's records on disk: one folder, or one PostgreSQL by its address."""
