//! RFC 6901 pointers as text.

/// Appends one member name or array index to a pointer.
pub(crate) fn push(pointer: &mut String, step: &str) {
    pointer.push('/');
    for character in step.chars() {
        match character {
            '~' => pointer.push_str("~0"),
            '/' => pointer.push_str("~1"),
            other => pointer.push(other),
        }
    }
}

/// The pointer one step below another.
pub(crate) fn below(pointer: &str, step: &str) -> String {
    let mut longer = pointer.to_owned();
    push(&mut longer, step);
    longer
}

/// The steps of a pointer, unescaped.
pub(crate) fn steps(pointer: &str) -> impl Iterator<Item = String> + '_ {
    pointer.split('/').skip(1).map(|step| step.replace("~1", "/").replace("~0", "~"))
}

/// Splits off the last step, unescaped.
pub(crate) fn split_last(pointer: &str) -> Option<(&str, String)> {
    let (front, last) = pointer.rsplit_once('/')?;
    Some((front, last.replace("~1", "/").replace("~0", "~")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn escapes_and_unescapes_as_rfc_6901_section_3_and_5() {
        let mut pointer = String::new();
        for step in ["a/b", "m~n", "", "0", "~1"] {
            push(&mut pointer, step);
        }
        assert_eq!(pointer, "/a~1b/m~0n//0/~01");
        assert_eq!(steps(&pointer).collect::<Vec<_>>(), ["a/b", "m~n", "", "0", "~1"]);
        assert_eq!(split_last("/a/b~1c"), Some(("/a", "b/c".to_owned())));
        assert_eq!(steps("").count(), 0);
    }
}
