//! Browsers: a page from anywhere can have one send text to this computer's ports, and a line of
//! SCPI in it would turn a knob. What a browser sends begins with lines of HTTP.

/// The longest beginning of a line that is looked at.
const LOOKED_AT: usize = 16;

/// Methods of HTTP (RFC 9110, 9; from memory).
const METHODS: [&[u8]; 9] = [
    b"GET ",
    b"HEAD ",
    b"POST ",
    b"PUT ",
    b"DELETE ",
    b"CONNECT ",
    b"OPTIONS ",
    b"TRACE ",
    b"PATCH ",
];

/// Watches for lines of HTTP, of which SCPI has none.
#[derive(Default)]
pub(super) struct Browser {
    line: Vec<u8>,
}

impl Browser {
    /// Takes the next byte; whether it ends a line of HTTP.
    pub(super) fn is_seen_at(&mut self, byte: u8) -> bool {
        if byte != b'\n' {
            // What is beyond tells nothing more.
            if self.line.len() < LOOKED_AT {
                self.line.push(byte);
            }
            return false;
        }
        let line = std::mem::take(&mut self.line);
        let begins = |word: &[u8]| {
            line.get(..word.len()).is_some_and(|begin| begin.eq_ignore_ascii_case(word))
        };
        METHODS.iter().any(|method| begins(method)) || begins(b"host:")
    }
}

#[cfg(test)]
mod tests {
    use super::Browser;

    #[test]
    fn lines_of_http_are_none_of_scpi() {
        let seen = |text: &str| {
            let mut browser = Browser::default();
            text.bytes().any(|byte| browser.is_seen_at(byte))
        };
        for text in
            ["POST / HTTP/1.1\r\n", "x\nHost: 127.0.0.1:5025\r\n", "get /TRIG:LEV HTTP/1.0\n"]
        {
            assert!(seen(text), "{text}");
        }
        for text in ["*IDN?\n", "TRIG:LEV 1.5\n", "POSTPONED\n", ":FETC:VOLT?\r\n", "POST / no end"]
        {
            assert!(!seen(text), "{text}");
        }
    }
}
