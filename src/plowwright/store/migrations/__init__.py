"""How the records' tables came to be, one step for each schema that was ever released."""
