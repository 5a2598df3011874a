"""The pipeline: files to a job; a job to findings, sheets, proof and plan."""
