"""Windows: cut-outs that have the wanted outline when worn."""
