SwaggerUIBundle({
  url: "/openapi.json",
  dom_id: "#calls",
  deepLinking: true,
  validatorUrl: null,
  defaultModelsExpandDepth: 0,
});
