//! A client of the API as a user would write one.

use reqwest::{Method, StatusCode};
use serde_json::Value;

/// Somebody at the API: signed in, or not.
#[derive(Clone)]
pub struct Client {
    http: reqwest::Client,
    base: String,
    token: Option<String>,
}

/// What came back.
pub struct Answer {
    /// Status.
    pub status: StatusCode,
    /// Headers.
    pub headers: reqwest::header::HeaderMap,
    /// Body: JSON, or null where there is none.
    pub body: Value,
    /// Body as text.
    pub text: String,
    /// Body as it came.
    pub bytes: Vec<u8>,
}

impl Client {
    /// Nobody, at a service.
    pub fn nobody(base: &str) -> Self {
        Self {
            http: reqwest::Client::new(),
            base: base.to_owned(),
            token: None,
        }
    }

    /// The same client at another service.
    pub fn at(&self, base: &str) -> Self {
        Self {
            base: base.to_owned(),
            ..self.clone()
        }
    }

    /// The same client with an access token.
    pub fn with_token(&self, token: &str) -> Self {
        Self {
            token: Some(token.to_owned()),
            ..self.clone()
        }
    }

    /// The access token it sends; empty where nobody is signed in.
    pub fn token(&self) -> &str {
        self.token.as_deref().unwrap_or_default()
    }

    /// Sends a request; `headers` are added to those every request carries.
    pub async fn send(
        &self,
        method: Method,
        path: &str,
        headers: &[(&str, &str)],
        body: Option<&Value>,
    ) -> Answer {
        let mut request = self.request(method, path);
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        if let Some(body) = body {
            request = request.json(body);
        }
        Self::answer(request).await
    }

    /// Sends a body as it is, with no header but these.
    pub async fn send_text(
        &self,
        method: Method,
        path: &str,
        headers: &[(&str, &str)],
        body: impl Into<reqwest::Body>,
    ) -> Answer {
        let mut request = self.request(method, path).body(body);
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        Self::answer(request).await
    }

    fn request(&self, method: Method, path: &str) -> reqwest::RequestBuilder {
        let request = self.http.request(method, format!("{}{path}", self.base));
        match &self.token {
            Some(token) => request.bearer_auth(token),
            None => request,
        }
    }

    async fn answer(request: reqwest::RequestBuilder) -> Answer {
        let answer = request.send().await.expect("the service answers");
        let (status, headers) = (answer.status(), answer.headers().clone());
        let bytes = answer
            .bytes()
            .await
            .expect("the answer comes whole")
            .to_vec();
        let text = String::from_utf8_lossy(&bytes).into_owned();
        let body = serde_json::from_str(&text).unwrap_or(Value::Null);
        Answer {
            status,
            headers,
            body,
            text,
            bytes,
        }
    }

    /// GET.
    pub async fn get(&self, path: &str) -> Answer {
        self.send(Method::GET, path, &[], None).await
    }

    /// POST of something that happens: carries a fresh key of its own.
    pub async fn post(&self, path: &str, body: &Value) -> Answer {
        let key = format!("\"{}\"", uuid::Uuid::new_v4());
        self.post_with_key(path, body, &key).await
    }

    /// POST under a given key.
    pub async fn post_with_key(&self, path: &str, body: &Value, key: &str) -> Answer {
        self.send(Method::POST, path, &[("idempotency-key", key)], Some(body))
            .await
    }
}

impl Answer {
    /// The body, where the status is this; else fails with what came instead.
    #[track_caller]
    pub fn expect(self, status: u16) -> Value {
        assert_eq!(self.status.as_u16(), status, "{}", self.text);
        self.body
    }

    /// The rows of a page of a list.
    #[track_caller]
    pub fn items(self) -> Vec<Value> {
        let page = self.expect(200);
        let items = page["items"].as_array();
        items.expect("a list has items").clone()
    }

    /// Fails unless this is a problem document of this status, whole by RFC 9457 section 3: its
    /// media type, `type`, `title`, `status` and `detail`. Gives the body.
    #[track_caller]
    pub fn expect_problem(&self, status: u16) -> &Value {
        assert_eq!(self.status.as_u16(), status, "{}", self.text);
        assert_eq!(
            self.header("content-type"),
            Some("application/problem+json"),
            "{}",
            self.text
        );
        assert_eq!(self.body["status"], status, "{}", self.text);
        for member in ["type", "title", "detail"] {
            let text = self.body[member].as_str().unwrap_or_default();
            assert!(!text.is_empty(), "{member} is missing: {}", self.text);
        }
        &self.body
    }

    /// The field a problem document names first.
    pub fn fault(&self) -> &str {
        self.body["faults"][0]["field"]
            .as_str()
            .unwrap_or("no field is named")
    }

    /// A header's text.
    pub fn header(&self, name: &str) -> Option<&str> {
        self.headers.get(name).and_then(|v| v.to_str().ok())
    }
}
