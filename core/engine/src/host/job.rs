//! What Windows holds a child to from outside: a job, in which the child is put before a library is sent to it.
#![allow(
    unsafe_code,
    reason = "the system's functions for jobs take pointers and handles; each block says what these are"
)]

use super::limits::Limits;
use std::ffi::c_void;
use std::io::{Error, Result};
use std::os::windows::io::{AsRawHandle, FromRawHandle, OwnedHandle};
use std::process::Child;
use windows_sys::Win32::System::JobObjects::{
    AssignProcessToJobObject, CreateJobObjectW, JOB_OBJECT_LIMIT_ACTIVE_PROCESS,
    JOB_OBJECT_LIMIT_DIE_ON_UNHANDLED_EXCEPTION, JOB_OBJECT_LIMIT_KILL_ON_JOB_CLOSE, JOB_OBJECT_LIMIT_PROCESS_MEMORY,
    JOB_OBJECT_LIMIT_PROCESS_TIME, JOBOBJECT_EXTENDED_LIMIT_INFORMATION, JobObjectExtendedLimitInformation,
    SetInformationJobObject,
};

/// A job of one process. The process ends with it, so also when its host is ended by force.
pub struct Job {
    _handle: OwnedHandle,
}

impl Job {
    /// Puts a child into a job of its own: so much memory and processor time, and no further process.
    ///
    /// # Errors
    /// When the system refuses the job or one of its limits.
    pub fn around(child: &Child, limits: &Limits) -> Result<Job> {
        // SAFETY: neither attributes nor a name are given, which the function allows.
        let job = unsafe { CreateJobObjectW(std::ptr::null(), std::ptr::null()) };
        if job.is_null() {
            return Err(Error::last_os_error());
        }
        // SAFETY: the handle was made just now and belongs to nobody else.
        let job = unsafe { OwnedHandle::from_raw_handle(job) };
        let mut most = JOBOBJECT_EXTENDED_LIMIT_INFORMATION::default();
        most.BasicLimitInformation.LimitFlags = JOB_OBJECT_LIMIT_PROCESS_MEMORY
            | JOB_OBJECT_LIMIT_PROCESS_TIME
            | JOB_OBJECT_LIMIT_ACTIVE_PROCESS
            | JOB_OBJECT_LIMIT_KILL_ON_JOB_CLOSE
            | JOB_OBJECT_LIMIT_DIE_ON_UNHANDLED_EXCEPTION;
        most.ProcessMemoryLimit = usize::try_from(limits.memory).unwrap_or(usize::MAX);
        // In units of 100 ns.
        let time = limits.processor_seconds().saturating_mul(10_000_000);
        most.BasicLimitInformation.PerProcessUserTimeLimit = i64::try_from(time).unwrap_or(i64::MAX);
        most.BasicLimitInformation.ActiveProcessLimit = 1;
        let size = size_of::<JOBOBJECT_EXTENDED_LIMIT_INFORMATION>() as u32;
        let (job_handle, child_handle) = (job.as_raw_handle(), child.as_raw_handle());
        let limits: *const c_void = (&raw const most).cast();
        // SAFETY: both handles are open, and the pointer is to a local of the class and size given with it.
        let held = unsafe {
            SetInformationJobObject(job_handle, JobObjectExtendedLimitInformation, limits, size) != 0
                && AssignProcessToJobObject(job_handle, child_handle) != 0
        };
        if held { Ok(Job { _handle: job }) } else { Err(Error::last_os_error()) }
    }
}
