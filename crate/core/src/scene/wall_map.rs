//! wall_map
