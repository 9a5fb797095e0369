"""Gloves, from the Form's own hand or a traced one."""
