//! What the `stillwave` program is made of: files in, tables and pictures out.
