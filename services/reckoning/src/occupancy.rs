//! Who is where.
