//! What a child takes away from itself on Windows before a library is loaded: its privileges, and writing to what its user
//! owns.
#![allow(
    unsafe_code,
    reason = "the system's functions for tokens take pointers and handles; each block says what these are"
)]

use std::os::windows::io::{AsRawHandle, FromRawHandle, OwnedHandle};
use windows_sys::Win32::Security::{
    AdjustTokenPrivileges, CreateWellKnownSid, SECURITY_MAX_SID_SIZE, SID_AND_ATTRIBUTES, SetTokenInformation,
    TOKEN_ADJUST_DEFAULT, TOKEN_ADJUST_PRIVILEGES, TOKEN_MANDATORY_LABEL, TokenIntegrityLevel, WinLowLabelSid,
};
use windows_sys::Win32::System::Threading::{GetCurrentProcess, OpenProcessToken};

/// The label is one of integrity (`SE_GROUP_INTEGRITY`).
const OF_INTEGRITY: u32 = 0x20;

/// Gives up every privilege and goes to low integrity, at which files, keys and processes of the user cannot be changed.
/// Whether the system took both.
pub fn lower() -> bool {
    let mut handle = std::ptr::null_mut();
    // SAFETY: the pseudo-handle of this process is always valid, and the pointer is to a local.
    let opened = unsafe {
        OpenProcessToken(GetCurrentProcess(), TOKEN_ADJUST_DEFAULT | TOKEN_ADJUST_PRIVILEGES, &raw mut handle)
    };
    if opened == 0 {
        return false;
    }
    // SAFETY: the handle was opened just now and belongs to nobody else.
    let token = unsafe { OwnedHandle::from_raw_handle(handle) };
    let mut sid = [0_u64; (SECURITY_MAX_SID_SIZE as usize).div_ceil(8)];
    let mut size = size_of_val(&sid) as u32;
    // SAFETY: the token is open; with all privileges disabled no list of them is read or written. The label is written into a
    // local of the size given, which outlives the call that reads it.
    unsafe {
        let (none, nowhere) = (std::ptr::null(), std::ptr::null_mut());
        let no_privileges = AdjustTokenPrivileges(token.as_raw_handle(), 1, none, 0, nowhere, nowhere.cast()) != 0;
        let sid = sid.as_mut_ptr().cast();
        let labelled = CreateWellKnownSid(WinLowLabelSid, std::ptr::null_mut(), sid, &raw mut size) != 0;
        let label = TOKEN_MANDATORY_LABEL { Label: SID_AND_ATTRIBUTES { Sid: sid, Attributes: OF_INTEGRITY } };
        let (label, of_size) = ((&raw const label).cast(), size_of::<TOKEN_MANDATORY_LABEL>() as u32 + size);
        no_privileges
            && labelled
            && SetTokenInformation(token.as_raw_handle(), TokenIntegrityLevel, label, of_size) != 0
    }
}
