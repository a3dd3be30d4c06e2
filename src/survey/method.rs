//! The ways of making a hole by hand.

use serde::Serialize;

/// A drilling method.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(into = "&'static str")]
pub enum Method {
    /// Turning an auger and lifting it out full.
    HandAuger,
    /// Lifting and dropping a bailer, chisel or stone hammer.
    HandPercussion,
    /// Working a pipe up and down with a hand as valve.
    Sludging,
    /// The same with a toothed, turned bit.
    ToothedSludging,
    /// A motor pump's water stream down the pipe.
    Washbore,
    /// Turning, dropping and pumping fluid by hand.
    ManualRotaryJetting,
    /// A shaft wide enough to work in.
    HandDigging,
}

impl Method {
    /// Every method.
    pub const ALL: [Method; 7] = [
        Method::HandAuger,
        Method::HandPercussion,
        Method::Sludging,
        Method::ToothedSludging,
        Method::Washbore,
        Method::ManualRotaryJetting,
        Method::HandDigging,
    ];

    /// The name people write.
    pub fn name(self) -> &'static str {
        match self {
            Method::HandAuger => "hand auger",
            Method::HandPercussion => "hand percussion",
            Method::Sludging => "sludging",
            Method::ToothedSludging => "toothed sludging",
            Method::Washbore => "washbore",
            Method::ManualRotaryJetting => "manual rotary jetting",
            Method::HandDigging => "hand digging",
        }
    }

    /// The method of that name; case, spaces, hyphens and underscores aside.
    pub fn from_name(name: &str) -> Option<Self> {
        let plain = |s: &str| s.trim().to_lowercase().replace(['-', '_'], " ");
        Self::ALL.into_iter().find(|m| plain(m.name()) == plain(name))
    }
}

impl From<Method> for &'static str {
    fn from(method: Method) -> Self {
        method.name()
    }
}
