"""Sheets on paper at true size: PDFs for a plotter, or tiled over small paper. Reads the drawn sheets, nothing else."""
