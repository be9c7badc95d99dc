//! What a browser brings back.

use axum::http::{HeaderMap, header};

/// A cookie's value.
pub(crate) fn cookie(headers: &HeaderMap, name: &str) -> Option<String> {
    cookies(headers, name).next().map(str::to_owned)
}

/// The values of all cookies of a name.
pub(crate) fn cookies<'a>(headers: &'a HeaderMap, name: &'a str) -> impl Iterator<Item = &'a str> {
    let all = headers.get_all(header::COOKIE).iter().filter_map(|value| value.to_str().ok());
    all.flat_map(|all| all.split(';')).filter_map(move |pair| {
        let (key, value) = pair.trim().split_once('=')?;
        (key == name).then_some(value)
    })
}

#[cfg(test)]
mod tests {
    use axum::http::HeaderValue;

    use super::*;

    #[test]
    fn a_cookie_is_found_among_others() {
        let mut headers = HeaderMap::new();
        headers.insert(header::COOKIE, HeaderValue::from_static("unit=inch; token=abc"));
        assert_eq!(cookie(&headers, "token").as_deref(), Some("abc"));
        assert_eq!(cookie(&headers, "tok"), None);
    }
}
