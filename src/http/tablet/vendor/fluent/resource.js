const RE_MESSAGE_START = /^(-?[a-zA-Z][\w-]*) *= */gm;
const RE_ATTRIBUTE_START = /\.([a-zA-Z][\w-]*) *= */y;
const RE_VARIANT_START = /\*?\[/y;
const RE_NUMBER_LITERAL = /(-?[0-9]+(?:\.([0-9]+))?)/y;
const RE_IDENTIFIER = /([a-zA-Z][\w-]*)/y;
const RE_REFERENCE = /([$-])?([a-zA-Z][\w-]*)(?:\.([a-zA-Z][\w-]*))?/y;
const RE_FUNCTION_NAME = /^[A-Z][A-Z0-9_-]*$/;
const RE_TEXT_RUN = /([^{}\n\r]+)/y;
const RE_STRING_RUN = /([^\\"\n\r]*)/y;
const RE_STRING_ESCAPE = /\\([\\"])/y;
const RE_UNICODE_ESCAPE = /\\u([a-fA-F0-9]{4})|\\U([a-fA-F0-9]{6})/y;
const RE_LEADING_NEWLINES = /^\n+/;
const RE_TRAILING_SPACES = / +$/;
const RE_BLANK_LINES = / *\r?\n/g;
const RE_INDENT = /( *)$/;
const TOKEN_BRACE_OPEN = /{\s*/y;
const TOKEN_BRACE_CLOSE = /\s*}/y;
const TOKEN_BRACKET_OPEN = /\[\s*/y;
const TOKEN_BRACKET_CLOSE = /\s*] */y;
const TOKEN_PAREN_OPEN = /\s*\(\s*/y;
const TOKEN_ARROW = /\s*->\s*/y;
const TOKEN_COLON = /\s*:\s*/y;
const TOKEN_COMMA = /\s*,?\s*/y;
const TOKEN_BLANK = /\s+/y;
export class FluentResource {
	constructor(source) {
		this.body = [];
		RE_MESSAGE_START.lastIndex = 0;
		let cursor = 0;
		while (true) {
			let next = RE_MESSAGE_START.exec(source);
			if (next === null) {
				break;
			}
			cursor = RE_MESSAGE_START.lastIndex;
			try {
				this.body.push(parseMessage(next[1]));
			}
			catch (err) {
				if (err instanceof SyntaxError) {
					continue;
				}
				throw err;
			}
		}
		function test(re) {
			re.lastIndex = cursor;
			return re.test(source);
		}
		function consumeChar(char, errorClass) {
			if (source[cursor] === char) {
				cursor++;
				return true;
			}
			if (errorClass) {
				throw new errorClass(`Expected ${char}`);
			}
			return false;
		}
		function consumeToken(re, errorClass) {
			if (test(re)) {
				cursor = re.lastIndex;
				return true;
			}
			if (errorClass) {
				throw new errorClass(`Expected ${re.toString()}`);
			}
			return false;
		}
		function match(re) {
			re.lastIndex = cursor;
			let result = re.exec(source);
			if (result === null) {
				throw new SyntaxError(`Expected ${re.toString()}`);
			}
			cursor = re.lastIndex;
			return result;
		}
		function match1(re) {
			return match(re)[1];
		}
		function parseMessage(id) {
			let value = parsePattern();
			let attributes = parseAttributes();
			if (value === null && Object.keys(attributes).length === 0) {
				throw new SyntaxError("Expected message value or attributes");
			}
			return { id, value, attributes };
		}
		function parseAttributes() {
			let attrs = Object.create(null);
			while (test(RE_ATTRIBUTE_START)) {
				let name = match1(RE_ATTRIBUTE_START);
				let value = parsePattern();
				if (value === null) {
					throw new SyntaxError("Expected attribute value");
				}
				attrs[name] = value;
			}
			return attrs;
		}
		function parsePattern() {
			let first;
			if (test(RE_TEXT_RUN)) {
				first = match1(RE_TEXT_RUN);
			}
			if (source[cursor] === "{" || source[cursor] === "}") {
				return parsePatternElements(first ? [first] : [], Infinity);
			}
			let indent = parseIndent();
			if (indent) {
				if (first) {
					return parsePatternElements([first, indent], indent.length);
				}
				indent.value = trim(indent.value, RE_LEADING_NEWLINES);
				return parsePatternElements([indent], indent.length);
			}
			if (first) {
				return trim(first, RE_TRAILING_SPACES);
			}
			return null;
		}
		function parsePatternElements(elements = [], commonIndent) {
			while (true) {
				if (test(RE_TEXT_RUN)) {
					elements.push(match1(RE_TEXT_RUN));
					continue;
				}
				if (source[cursor] === "{") {
					elements.push(parsePlaceable());
					continue;
				}
				if (source[cursor] === "}") {
					throw new SyntaxError("Unbalanced closing brace");
				}
				let indent = parseIndent();
				if (indent) {
					elements.push(indent);
					commonIndent = Math.min(commonIndent, indent.length);
					continue;
				}
				break;
			}
			let lastIndex = elements.length - 1;
			let lastElement = elements[lastIndex];
			if (typeof lastElement === "string") {
				elements[lastIndex] = trim(lastElement, RE_TRAILING_SPACES);
			}
			let baked = [];
			for (let element of elements) {
				if (element instanceof Indent) {
					element = element.value.slice(0, element.value.length - commonIndent);
				}
				if (element) {
					baked.push(element);
				}
			}
			return baked;
		}
		function parsePlaceable() {
			consumeToken(TOKEN_BRACE_OPEN, SyntaxError);
			let selector = parseInlineExpression();
			if (consumeToken(TOKEN_BRACE_CLOSE)) {
				return selector;
			}
			if (consumeToken(TOKEN_ARROW)) {
				let variants = parseVariants();
				consumeToken(TOKEN_BRACE_CLOSE, SyntaxError);
				return {
					type: "select",
					selector,
					...variants,
				};
			}
			throw new SyntaxError("Unclosed placeable");
		}
		function parseInlineExpression() {
			if (source[cursor] === "{") {
				return parsePlaceable();
			}
			if (test(RE_REFERENCE)) {
				let [, sigil, name, attr = null] = match(RE_REFERENCE);
				if (sigil === "$") {
					return { type: "var", name };
				}
				if (consumeToken(TOKEN_PAREN_OPEN)) {
					let args = parseArguments();
					if (sigil === "-") {
						return { type: "term", name, attr, args };
					}
					if (RE_FUNCTION_NAME.test(name)) {
						return { type: "func", name, args };
					}
					throw new SyntaxError("Function names must be all upper-case");
				}
				if (sigil === "-") {
					return {
						type: "term",
						name,
						attr,
						args: [],
					};
				}
				return { type: "mesg", name, attr };
			}
			return parseLiteral();
		}
		function parseArguments() {
			let args = [];
			while (true) {
				switch (source[cursor]) {
					case ")": // End of the argument list.
						cursor++;
						return args;
					case undefined: // EOF
						throw new SyntaxError("Unclosed argument list");
				}
				args.push(parseArgument());
				consumeToken(TOKEN_COMMA);
			}
		}
		function parseArgument() {
			let expr = parseInlineExpression();
			if (expr.type !== "mesg") {
				return expr;
			}
			if (consumeToken(TOKEN_COLON)) {
				return {
					type: "narg",
					name: expr.name,
					value: parseLiteral(),
				};
			}
			return expr;
		}
		function parseVariants() {
			let variants = [];
			let count = 0;
			let star;
			while (test(RE_VARIANT_START)) {
				if (consumeChar("*")) {
					star = count;
				}
				let key = parseVariantKey();
				let value = parsePattern();
				if (value === null) {
					throw new SyntaxError("Expected variant value");
				}
				variants[count++] = { key, value };
			}
			if (count === 0) {
				return null;
			}
			if (star === undefined) {
				throw new SyntaxError("Expected default variant");
			}
			return { variants, star };
		}
		function parseVariantKey() {
			consumeToken(TOKEN_BRACKET_OPEN, SyntaxError);
			let key;
			if (test(RE_NUMBER_LITERAL)) {
				key = parseNumberLiteral();
			}
			else {
				key = {
					type: "str",
					value: match1(RE_IDENTIFIER),
				};
			}
			consumeToken(TOKEN_BRACKET_CLOSE, SyntaxError);
			return key;
		}
		function parseLiteral() {
			if (test(RE_NUMBER_LITERAL)) {
				return parseNumberLiteral();
			}
			if (source[cursor] === '"') {
				return parseStringLiteral();
			}
			throw new SyntaxError("Invalid expression");
		}
		function parseNumberLiteral() {
			let [, value, fraction = ""] = match(RE_NUMBER_LITERAL);
			let precision = fraction.length;
			return {
				type: "num",
				value: parseFloat(value),
				precision,
			};
		}
		function parseStringLiteral() {
			consumeChar('"', SyntaxError);
			let value = "";
			while (true) {
				value += match1(RE_STRING_RUN);
				if (source[cursor] === "\\") {
					value += parseEscapeSequence();
					continue;
				}
				if (consumeChar('"')) {
					return { type: "str", value };
				}
				throw new SyntaxError("Unclosed string literal");
			}
		}
		function parseEscapeSequence() {
			if (test(RE_STRING_ESCAPE)) {
				return match1(RE_STRING_ESCAPE);
			}
			if (test(RE_UNICODE_ESCAPE)) {
				let [, codepoint4, codepoint6] = match(RE_UNICODE_ESCAPE);
				let codepoint = parseInt(codepoint4 || codepoint6, 16);
				return codepoint <= 0xd7ff || 0xe000 <= codepoint
					? // It's a Unicode scalar value.
						String.fromCodePoint(codepoint)
					: // Lonely surrogates can cause trouble when the parsing result is
						"�";
			}
			throw new SyntaxError("Unknown escape sequence");
		}
		function parseIndent() {
			let start = cursor;
			consumeToken(TOKEN_BLANK);
			switch (source[cursor]) {
				case ".":
				case "[":
				case "*":
				case "}":
				case undefined: // EOF
					return false;
				case "{":
					return makeIndent(source.slice(start, cursor));
			}
			if (source[cursor - 1] === " ") {
				return makeIndent(source.slice(start, cursor));
			}
			return false;
		}
		function trim(text, re) {
			return text.replace(re, "");
		}
		function makeIndent(blank) {
			let value = blank.replace(RE_BLANK_LINES, "\n");
			let length = RE_INDENT.exec(blank)[1].length;
			return new Indent(value, length);
		}
	}
}
class Indent {
	constructor(value, length) {
		this.value = value;
		this.length = length;
	}
}
