"""Reading and writing whole files safely."""
