//! Confining the child: how much it may use, and what the system lets it do.
//!
//! Before the library is loaded: limits on memory, processor time, files and processes; `landlock`, where the kernel
//! has it, takes away every file and every network port; `seccomp` lets only calls pass that computing needs, and ends
//! the process for those of another machine's numbering. Once the library is loaded, opening anything ends the process,
//! and nothing can be asked about a file by its path.

use super::limits::Limits;

/// Sets the limits on what the child may use. Where one cannot be set, the others still hold.
#[cfg(unix)]
pub fn limit(limits: &Limits) {
    use rustix::process::{Resource, Rlimit, setrlimit};
    let wanted = [
        (Resource::As, limits.memory),
        (Resource::Cpu, limits.processor_seconds()),
        (Resource::Core, 0),
        (Resource::Fsize, 0),
        (Resource::Nproc, 0),
        (Resource::Nofile, 16),
    ];
    for (resource, most) in wanted {
        let _ = setrlimit(resource, Rlimit { current: Some(most), maximum: Some(most) });
    }
}

/// Sets the limits on what the child may use; on Windows the host has set them from outside.
#[cfg(not(unix))]
pub fn limit(_: &Limits) {}

/// What is limited all the same where a child is not confined.
pub const HELD: &str = if cfg!(target_os = "linux") {
    "its time, memory and output were limited all the same"
} else if cfg!(windows) {
    "its time, memory and output were limited all the same and it could start no other process; it could read files and use \
     the network as you can, and change files where low integrity is among what lacks"
} else {
    "its time and output were limited all the same; limits on its memory, files and processes were set, and nobody has \
     tried whether this system holds to them"
};

/// Takes away what computing does not need, before the library is loaded. The names of what the system lacks.
#[cfg(target_os = "linux")]
pub fn confine() -> Vec<&'static str> {
    let mut lacking = Vec::new();
    lacking.extend(linux::no_files());
    if !linux::only_computing() {
        lacking.push("seccomp");
    }
    lacking
}

/// Takes away what can be taken away: privileges, and changing the user's files. Reading them and the network stay.
#[cfg(windows)]
pub fn confine() -> Vec<&'static str> {
    if super::token::lower() { vec!["confinement"] } else { vec!["confinement", "low integrity"] }
}

/// Takes away what computing does not need; nothing does so on this system.
#[cfg(not(any(target_os = "linux", windows)))]
pub fn confine() -> Vec<&'static str> {
    vec!["confinement"]
}

/// Takes away what only loading needs. Whether it could.
#[cfg(target_os = "linux")]
pub fn seal() -> bool {
    linux::no_more_opening()
}

/// Takes away what only loading needs; nothing does so on this system.
#[cfg(not(target_os = "linux"))]
pub fn seal() -> bool {
    false
}

#[cfg(target_os = "linux")]
mod linux {
    use seccompiler::{
        BpfProgram, SeccompAction, SeccompCmpArgLen, SeccompCmpOp, SeccompCondition, SeccompFilter, SeccompRule,
        apply_filter,
    };
    use std::collections::BTreeMap;

    /// No file, no port, no signal to others and no abstract socket of others. What the system lacks for it: an older
    /// one takes away a part.
    pub fn no_files() -> Option<&'static str> {
        use landlock::{ABI, Access, AccessFs, AccessNet, Ruleset, RulesetAttr, RulesetStatus, Scope};
        let confined = Ruleset::default()
            .handle_access(AccessFs::from_all(ABI::V7))
            .and_then(|rules| rules.handle_access(AccessNet::from_all(ABI::V7)))
            .and_then(|rules| rules.scope(Scope::from_all(ABI::V7)))
            .and_then(|rules| rules.create())
            .and_then(|rules| rules.restrict_self());
        match confined.map(|status| status.ruleset) {
            Ok(RulesetStatus::FullyEnforced) => None,
            Ok(RulesetStatus::PartiallyEnforced) => Some("complete landlock"),
            Ok(RulesetStatus::NotEnforced) | Err(_) => Some("landlock"),
        }
    }

    /// Calls that loading and computing need; any other is answered with "not permitted".
    const COMPUTING: &[i64] = &[
        libc::SYS_read,
        libc::SYS_readv,
        libc::SYS_pread64,
        libc::SYS_write,
        libc::SYS_writev,
        libc::SYS_close,
        libc::SYS_fstat,
        libc::SYS_newfstatat,
        libc::SYS_lseek,
        libc::SYS_openat,
        libc::SYS_readlinkat,
        libc::SYS_mmap,
        libc::SYS_munmap,
        libc::SYS_mprotect,
        libc::SYS_mremap,
        libc::SYS_madvise,
        libc::SYS_brk,
        libc::SYS_futex,
        libc::SYS_rt_sigaction,
        libc::SYS_rt_sigprocmask,
        libc::SYS_rt_sigreturn,
        libc::SYS_sigaltstack,
        libc::SYS_restart_syscall,
        libc::SYS_getpid,
        libc::SYS_gettid,
        libc::SYS_getrandom,
        libc::SYS_clock_gettime,
        libc::SYS_clock_nanosleep,
        libc::SYS_nanosleep,
        libc::SYS_sched_yield,
        libc::SYS_sched_getaffinity,
        libc::SYS_sysinfo,
        libc::SYS_exit,
        libc::SYS_exit_group,
    ];

    /// What may be asked of a handle. Anything else could have signals sent to mateline, or take a lease on a file.
    const OF_A_HANDLE: &[i32] = &[libc::F_GETFD, libc::F_SETFD, libc::F_GETFL, libc::F_DUPFD_CLOEXEC];

    /// Calls that ask about a file by its path: they are answered with "not permitted" once the library is loaded.
    const ASKING: &[i64] = &[libc::SYS_newfstatat, libc::SYS_readlinkat];

    /// Calls that end the process: a plugin that makes one is told apart from one that computes wrongly.
    const NEVER: &[i64] = &[
        libc::SYS_socket,
        libc::SYS_socketpair,
        libc::SYS_connect,
        libc::SYS_bind,
        libc::SYS_listen,
        libc::SYS_accept4,
        libc::SYS_sendto,
        libc::SYS_sendmsg,
        libc::SYS_execve,
        libc::SYS_execveat,
        libc::SYS_clone,
        libc::SYS_clone3,
        libc::SYS_kill,
        libc::SYS_ptrace,
        libc::SYS_process_vm_readv,
        libc::SYS_process_vm_writev,
        libc::SYS_io_uring_setup,
        libc::SYS_bpf,
        libc::SYS_unshare,
        libc::SYS_setns,
        libc::SYS_mount,
        #[cfg(target_arch = "x86_64")]
        libc::SYS_fork,
        #[cfg(target_arch = "x86_64")]
        libc::SYS_vfork,
    ];

    /// Calls that open or change files: they end the process once the library is loaded.
    const OPENING: &[i64] = &[
        libc::SYS_openat,
        libc::SYS_openat2,
        libc::SYS_unlinkat,
        libc::SYS_renameat2,
        libc::SYS_mkdirat,
        libc::SYS_linkat,
        libc::SYS_symlinkat,
        libc::SYS_truncate,
        #[cfg(target_arch = "x86_64")]
        libc::SYS_open,
        #[cfg(target_arch = "x86_64")]
        libc::SYS_creat,
        #[cfg(target_arch = "x86_64")]
        libc::SYS_unlink,
        #[cfg(target_arch = "x86_64")]
        libc::SYS_rename,
        #[cfg(target_arch = "x86_64")]
        libc::SYS_mkdir,
        #[cfg(target_arch = "x86_64")]
        libc::SYS_rmdir,
        libc::SYS_memfd_create,
    ];

    /// Lets only what computing needs pass; beside it a signal to itself, as `abort` sends it, and more confinement.
    pub fn only_computing() -> bool {
        let mut rules: BTreeMap<i64, Vec<SeccompRule>> = COMPUTING.iter().map(|call| (*call, Vec::new())).collect();
        let first_is = |value: u64| {
            let same = SeccompCondition::new(0, SeccompCmpArgLen::Dword, SeccompCmpOp::Eq, value);
            same.and_then(|same| SeccompRule::new(vec![same]))
        };
        let only = [
            (libc::SYS_tgkill, u64::from(std::process::id())),
            (libc::SYS_prctl, libc::PR_SET_NO_NEW_PRIVS as u64),
            (libc::SYS_seccomp, u64::from(libc::SECCOMP_SET_MODE_FILTER)),
        ];
        for (call, first) in only {
            let Ok(rule) = first_is(first) else { return false };
            rules.insert(call, vec![rule]);
        }
        let second_is = |value: i32| {
            let same = SeccompCondition::new(1, SeccompCmpArgLen::Dword, SeccompCmpOp::Eq, value as u64);
            same.and_then(|same| SeccompRule::new(vec![same]))
        };
        let Ok(of_a_handle) = OF_A_HANDLE.iter().map(|command| second_is(*command)).collect() else { return false };
        rules.insert(libc::SYS_fcntl, of_a_handle);
        install(rules, NOT_PERMITTED, SeccompAction::Allow) && forbid(NEVER) && no_other_numbering()
    }

    const NOT_PERMITTED: SeccompAction = SeccompAction::Errno(libc::EPERM as u32);

    /// Ends the process when it opens or changes a file; a path tells nothing any more.
    pub fn no_more_opening() -> bool {
        let asking = ASKING.iter().map(|call| (*call, Vec::new())).collect();
        install(asking, SeccompAction::Allow, NOT_PERMITTED) && forbid(OPENING)
    }

    /// Ends the process for calls of the x32 numbering, which the other filters would only refuse. Calls of a 32-bit
    /// machine end it by what every filter begins with.
    fn no_other_numbering() -> bool {
        #[cfg(target_arch = "x86_64")]
        {
            use seccompiler::sock_filter;
            const LOAD_NUMBER: u16 = 0x20;
            const AT_LEAST: u16 = 0x35;
            const RETURN: u16 = 0x06;
            let step = |code, jt, jf, k| sock_filter { code, jt, jf, k };
            let program = [
                step(LOAD_NUMBER, 0, 0, 0),
                step(AT_LEAST, 0, 1, 0x4000_0000),
                step(RETURN, 0, 0, libc::SECCOMP_RET_KILL_PROCESS),
                step(RETURN, 0, 0, libc::SECCOMP_RET_ALLOW),
            ];
            apply_filter(&program).is_ok()
        }
        #[cfg(not(target_arch = "x86_64"))]
        true
    }

    fn forbid(calls: &[i64]) -> bool {
        let rules = calls.iter().map(|call| (*call, Vec::new())).collect();
        install(rules, SeccompAction::Allow, SeccompAction::KillProcess)
    }

    fn install(rules: BTreeMap<i64, Vec<SeccompRule>>, otherwise: SeccompAction, then: SeccompAction) -> bool {
        let program = || -> Option<BpfProgram> {
            let machine = std::env::consts::ARCH.try_into().ok()?;
            SeccompFilter::new(rules, otherwise, then, machine).ok()?.try_into().ok()
        };
        program().is_some_and(|program| apply_filter(&program).is_ok())
    }
}
