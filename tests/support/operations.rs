//! The operations of the service, as its own OpenAPI document lists them.

use reqwest::Method;
use serde_json::Value;

use super::Client;

/// One operation.
#[derive(Clone, Debug)]
pub struct Operation {
    /// Its name in the document.
    pub id: String,
    /// Its method.
    pub method: Method,
    /// Its path, with `{…}` where an id stands.
    pub path: String,
    /// What the document says of it.
    pub said: Value,
}

impl Operation {
    /// Every operation of the running service, in order of path and method.
    pub async fn all(anybody: &Client) -> Vec<Self> {
        let document = anybody.get("/api/openapi.json").await.expect(200);
        let paths = document["paths"]
            .as_object()
            .expect("the document has paths");
        let mut all = Vec::new();
        for (path, item) in paths {
            for method in ["get", "put", "post", "patch", "delete"] {
                let said = &item[method];
                if said.is_object() {
                    all.push(Self {
                        id: said["operationId"].as_str().unwrap_or_default().to_owned(),
                        method: method.to_uppercase().parse().expect("a method"),
                        path: path.clone(),
                        said: said.clone(),
                    });
                }
            }
        }
        assert!(!all.is_empty(), "the document lists operations");
        all
    }

    /// Whether it is about something of a site.
    pub fn is_of_a_site(&self) -> bool {
        self.path.contains("{site_id}")
    }

    /// Whether it takes this parameter.
    pub fn takes(&self, name: &str) -> bool {
        let parameters = self.said["parameters"].as_array();
        parameters.is_some_and(|all| all.iter().any(|parameter| parameter["name"] == name))
    }

    /// Whether it is a list by cursor.
    pub fn is_a_list(&self) -> bool {
        self.method == Method::GET && self.takes("limit") && self.takes("cursor")
    }

    /// Names of the ids in its path: `site_id`, `court_id`.
    pub fn path_names(&self) -> Vec<&str> {
        let segments = self.path.split('/');
        segments
            .filter_map(|segment| segment.strip_prefix('{')?.strip_suffix('}'))
            .collect()
    }

    /// Its path with these texts put in.
    pub fn path_with(&self, text_of: impl Fn(&str) -> String) -> String {
        let segments = self.path.split('/').map(|segment| {
            match segment.strip_prefix('{').and_then(|s| s.strip_suffix('}')) {
                Some(name) => text_of(name),
                None => segment.to_owned(),
            }
        });
        segments.collect::<Vec<_>>().join("/")
    }

    /// Its path at a site, with these ids put in, and something that reads where no id stands.
    pub fn path_at(&self, site_id: i64, id_of: impl Fn(&str) -> String) -> String {
        self.path_with(|name| match name {
            "site_id" => site_id.to_string(),
            name if name.ends_with("_id") => id_of(name),
            "date" => "2031-06-10".to_owned(),
            "iso_week" => "2031-W24".to_owned(),
            "key" => "01234567-89ab-4cde-8f01-23456789abcd".to_owned(),
            other => panic!("say in tests/support/operations.rs what stands at {{{other}}}"),
        })
    }

    /// The query parameters it cannot do without, with values that read.
    pub fn needed_query(&self) -> Vec<(String, &'static str)> {
        let parameters = self.said["parameters"].as_array().into_iter().flatten();
        parameters
            .filter(|parameter| parameter["in"] == "query" && parameter["required"] == true)
            .map(|parameter| {
                let name = parameter["name"].as_str().unwrap_or_default();
                let text = match name {
                    "from" => "2031-01-01",
                    "to" => "2031-12-31",
                    "why" => "blurred",
                    other => panic!("say here what {other} may be"),
                };
                (name.to_owned(), text)
            })
            .collect()
    }

    /// The same as a query's text: `from=2031-01-01&to=2031-12-31`.
    pub fn needed_query_text(&self) -> String {
        let pairs: Vec<_> = self
            .needed_query()
            .into_iter()
            .map(|(name, text)| format!("{name}={text}"))
            .collect();
        pairs.join("&")
    }
}
