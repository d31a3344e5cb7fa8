"""Published facts: components, constants, cautions, evidence tables, and the ledger of sources."""
