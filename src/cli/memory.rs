//! How freed memory goes back to the system.
#![allow(unsafe_code, reason = "a setting of the C library")]

/// Blocks larger than this are given back as soon as they are freed. Left to itself the C library raises the limit to
/// 32 MB with the first large block freed, and keeps what the speech engine frees after each stretch: a fifth of all.
#[cfg(target_env = "gnu")]
pub fn give_back() {
    const LARGE: libc::c_int = 256 << 10;
    // SAFETY: called before any thread is begun; a refused setting leaves everything as it is.
    unsafe {
        libc::mallopt(libc::M_MMAP_THRESHOLD, LARGE);
    }
}

/// Other C libraries give it back by themselves.
#[cfg(not(target_env = "gnu"))]
pub fn give_back() {}
