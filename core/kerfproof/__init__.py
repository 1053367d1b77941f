"""Kerfproof's library: drawings to proven cut programs. Text and bytes in, values and text out."""
